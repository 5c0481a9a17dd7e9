page: {stock: 80x60mm, inset: 4}
makes: label
body:
  down:
    - text: One
    - text: Two
      grow: 1
    - text: Three
  gap: 2
