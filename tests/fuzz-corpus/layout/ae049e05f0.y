page: {stock: 4x6in, inset: 4}
makes: label
body:
  down:
    - text: "A sentence that goes on and on, far beyond the edge of its box, past the margin of the label and off into the dust of the shelf"
      fit: fail
