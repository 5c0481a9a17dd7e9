# yaml-language-server: $schema=layout.schema.json
# The thank-you insert on A6 without a name: the same card for every parcel.

# The card itself is `thank-you-a6`: copy that to change its type.
page: {stock: a6, inset: [30, 9, 12, 14]}
makes: insert

body:
  include: thank-you-a6
  let:
    greeting: ""
    thought: "{{ shop.thanks | first_of('Thank you.') }}"
