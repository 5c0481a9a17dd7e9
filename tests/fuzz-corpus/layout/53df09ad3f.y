page: {stock: a6}
sheet: {stock: a4, margin: 5, gutter: [1, 2, 3]}
makes: insert
body:
  text: "Thank you"
