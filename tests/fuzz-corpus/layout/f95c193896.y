page: {stock: a5}
sheet: {stock: a4, rows: 2}
makes: slip
flow: true
body:
  text: "Thank you"
