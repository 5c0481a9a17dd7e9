# A list is about all parcels, so none can be set aside for it.
page: {stock: a5, inset: 10}
makes: list
body:
  each: parcels
  show: {text: "{{ item.ship_to.postcode | plus(1) }}"}
