page: {stock: 4x6in}
makes: label
body:
  down:
    - page_of: "{{ carrier_label.file }}"
      fit: cover
      grow: 1
