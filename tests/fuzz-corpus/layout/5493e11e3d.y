page: {stock: 80x60mm, inset: 4}
makes: label
let:
  full: "{{ greeting }} {{ ship_to.name }}"
  greeting: Dear
body: {text: "{{ full }}"}
