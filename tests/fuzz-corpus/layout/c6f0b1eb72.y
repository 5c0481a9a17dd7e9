page: {stock: 4x6in, inset: 5}
makes: label
flow: true
body:
  each: range(1000)
  show: {rule: 2dots, height: 90}
