page: {stock: 4x6}
makes: label
body:
  text: hello
