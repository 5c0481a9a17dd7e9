page: {stock: 80x60mm, inset: 4}
makes: label
body:
  over:
    - box: 3dots
    - text: Inside
      at: [5, 10]
      width: 30
