page: {stock: 80x60mm, inset: 4}
makes: label
body:
  down:
    - text: Above
    - cut_line: 2dots
    - text: Below
  gap: 2
