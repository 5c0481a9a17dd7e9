page: {stock: 4x6in, inset: [1, 2, 3]}
makes: label
body:
  text: hello
