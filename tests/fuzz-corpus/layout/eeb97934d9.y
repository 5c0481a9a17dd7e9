page: {stock: 80x60mm, inset: 4}
makes: label
body:
  table: items
  columns:
    - {head: Item, cell: "{{ item.sku }}", grow: 1}
    - {head: Sum, cell: "{{ item.total }}", align: decimal, total: "{{ items | sum_of('total') }}"}
  every: 1
