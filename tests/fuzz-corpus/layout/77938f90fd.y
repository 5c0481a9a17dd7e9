page: {stock: a5, inset: 8}
makes: label
body:
  down:
    - image: logo.png
      height: 40
      width: 40
    - text: "{{ tag }}"
