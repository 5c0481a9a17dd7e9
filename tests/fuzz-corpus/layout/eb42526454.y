page: {stock: 80x60mm, inset: 4}
makes: label
body:
  each: items
  show:
    text: "{{ item.sku }}"
  most: 1
  more: "and {{ rest }} more"
