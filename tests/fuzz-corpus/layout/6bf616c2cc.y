page: {stock: 80x60mm, inset: 4}
makes: label
body:
  down:
    - text: Framed
      border: 3dots
      inset: [2, 3]
    - text: White
      ink: reversed
      inset: 1
      width: 12
  gap: 3
