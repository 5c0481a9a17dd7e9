page: {stock: 4x6in, inset: 4}
makes: label
body:
  down:
    - text: Hello
      height: 100
    - tag: "{{ tag }}"
      height: 60
