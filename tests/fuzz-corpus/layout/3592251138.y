page: {stock: 80x60mm, inset: 4}
makes: label
body:
  down:
    - code128: "{{ parcel.id }}"
      caption: below
      height: 20
    - qr: "{{ pair.label }}"
      height: 25
      align: left
