page: {stock: 80x60mm, inset: 4}
makes: label
body:
  down:
    - text: "A sentence that is set smaller until it fits on its one line"
      fit: shrink
      height: 4
    - text: "A sentence that is broken into as many lines as it needs to be read"
      width: 30
  gap: 2
