page: {stock: 80x60mm, inset: 4}
makes: label
type:
  small: {size: 7pt}
  strong: {like: smal, weight: bold}
body: {text: hello, type: strong}
