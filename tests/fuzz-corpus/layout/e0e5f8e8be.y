page: {stock: 90x60mm, inset: 8}
sheet: {stock: a4, columns: 2, rows: 2, margin: [12, 30]}
makes: insert
body:
  text: "{{ position }} {{ tag }}"
back:
  text: "behind {{ position }}"
