page: {stock: 4x6in, inset: 4}
makes: label
body:
  address: buyer
