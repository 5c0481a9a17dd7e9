page: {stock: 80x60mm, inset: 4}
makes: label
body:
  each: items | selectattr("price")
  as: thing
  show: {text: "{{ row }}. {{ thing.titel }}"}
