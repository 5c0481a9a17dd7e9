page: {stock: a6, inset: 8}
sheet: {stock: a4, columns: 3, rows: 2}
makes: insert
body:
  text: "Thank you, {{ ship_to.first_name }}"
