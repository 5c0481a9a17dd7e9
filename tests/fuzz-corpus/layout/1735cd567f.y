page: {stock: 4x6in, inset: 5}
makes: label
body:
  each: range(9000)
  show: {text: "{{ item }}"}
