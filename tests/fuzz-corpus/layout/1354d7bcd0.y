page: {stock: a6, inset: 8}
sheet: {stock: a5}
makes: insert
body:
  text: "Thank you"
