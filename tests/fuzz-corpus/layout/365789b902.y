page: {stock: a4, inset: 15}
makes: list
body: {text: "{{ tag }}"}
