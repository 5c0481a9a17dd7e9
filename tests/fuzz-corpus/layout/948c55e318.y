page: {stock: 4x6in, inset: 4}
makes: label
body:
  code128: "(00)395123451234567895"
  gs1: true
  caption: below
  height: 40
