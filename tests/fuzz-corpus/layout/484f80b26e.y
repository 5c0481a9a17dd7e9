page: {stock: 4x6in, inset: 5}
makes: label
body:
  text: "{{ 'word ' * 5000 }}"
