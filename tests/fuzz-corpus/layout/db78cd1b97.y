# yaml-language-server: $schema=layout.schema.json
# The thank-you insert on A6: one sentence to the buyer by name, and white to sign in by hand.

page: {stock: a6, inset: [30, 9, 12, 14]}
makes: insert

type:
  thought: {size: 20pt, smallest: 11pt, leading: 1.35}
  name: {size: 9pt, weight: bold, leading: 1.4}
  small: {size: 9pt, leading: 1.4}

let:
  # Nothing when the parcel goes to a firm without a person's name.
  greeting: "{{ ship_to.first_name ~ ',' if ship_to.first_name else '' }}"
  # The shop file's `thanks`; who is given a present did not order it, and is not thanked.
  thought: "{{ 'This was chosen for you.\nMay you enjoy it.' if gift else shop.thanks | first_of('Thank you.') }}"

body:
  down:
    - text: "{{ greeting }}"
      type: thought
      fit: shrink
      inset: [0, 0, 3, 0]
      when: greeting
    - text: "{{ thought }}"
      type: thought
      fit: shrink
      grow: 1

    # Room to sign is above the name.
    - text: "{{ shop.name }}"
      type: name
    - text: "{{ shop.contact }}"
      type: small
