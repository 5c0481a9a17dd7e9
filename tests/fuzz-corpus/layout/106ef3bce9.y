page: {stock: 4x6in, inset: 4}
makes: label
type:
  small: {size: 7pt}
body:
  text: hello
  type: smal
