page: {stock: 80x60mm, inset: 4}
makes: label
body:
  down:
    - text: "a"
     - text: b
