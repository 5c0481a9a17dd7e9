page: {stock: 4x6in, inset: 4}
makes: label
body:
  text: "{% for a in range(9999) %}{% for b in range(9999) %}x{% endfor %}{% endfor %}"
