page: {stock: a6, inset: 8}
sheet: {stock: a4, columns: 2, rows: 2, marks: true}
makes: insert
body:
  text: "{{ position }} {{ tag }}"
