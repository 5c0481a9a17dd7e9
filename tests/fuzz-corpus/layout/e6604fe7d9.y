page: {stock: 4x6in}
makes: label
body:
  down:
    - page_of: "{{ carier_label.file }}"
