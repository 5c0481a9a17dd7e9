page: {stock: a4, inset: 15}
makes: list
body:
  table: parcels
  columns:
    - {cell: "{{ item.ship_to.town }}"}
    - {cell: "{{ item.items | length }} {{ item.tga }}"}
