let: {greeting: Dear, closing: Yours}
parts:
  thanks: {text: "{{ greeting }}"}
