let:
  greeting: Dear
  formal: true
  full: "{{ greeting }} {{ ship_to.name if formal else ship_to.first_name }},"
type:
  small: {size: 7pt}
parts:
  thanks: {text: "{{ full }}", type: small}
  row: {text: "{{ row }}. {{ item.sku }}", type: loud}
  closing: {text: "only for gifts"}
