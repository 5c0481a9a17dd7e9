page: {stock: a6}
sheet: {stock: a4, columns: 0, rows: two}
makes: insert
body:
  text: "Thank you"
