page: {stock: 80x60mm, inset: 4}
makes: label
body:
  down:
    - text: Shown
    - text: Gift
      when: gift
    - text: "{{ message }}"
    - text: After
  gap: 2
