page: {stock: 80x60mm, inset: 4}
makes: label
let: {tag: Marlow, page: 1}
body: {text: "{{ tag }}"}
