page: {stock: 4x6in, inset: 4}
makes: label
type:
  name: {family: Noto Sanz, size: 20pt}
body:
  text: "{{ ship_to.name }}"
  type: name
