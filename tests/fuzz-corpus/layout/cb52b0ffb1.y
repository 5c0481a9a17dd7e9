page: {stock: 4x6in, inset: 4}
makes: label
body:
  down:
    - code128: "{{ parcel.id }}"
      height: 20
