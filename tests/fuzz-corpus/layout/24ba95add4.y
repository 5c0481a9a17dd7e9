page: {stock: 60x40mm, inset: 4}
sheet: {stock: 80x120mm, rows: 2, gutter: 4, marks: true}
makes: label
body:
  tag: "{{ tag }}"
