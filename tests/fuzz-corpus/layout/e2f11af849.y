# yaml-language-server: $schema=layout.schema.json
# The gift slip on 4×6 in label stock: the giver's message, what is in the parcel, and no price.

page: {stock: 4x6in, inset: [10, 8, 5, 8]}
makes: slip
flow: true

type:
  name: {size: 18pt, weight: bold, leading: 1.15}
  message: {size: 11pt, leading: 1.5}
  body: {size: 8.5pt, leading: 1.3}
  small: {size: 7pt, leading: 1.3}
  caption: {size: 7pt, weight: bold, spacing: 0.02, leading: 1.3}

# The shop stays in the background: the present is the giver's.
foot:
  across:
    - text: "{{ [shop.name, shop.contact] | join_given(' · ') }}"
      type: small
      grow: 1
    - text: "{{ pair.code }}{{ ' · ' ~ page ~ ' of ' ~ pages if pages > 1 else '' }}"
      type: small
      align: right
  gap: 4
  inset: [4, 0, 0, 0]

body:
  down:
    - down:
        - text: For
          type: caption
        - text: "{{ ship_to.first_name | first_of(ship_to.company) }}"
          type: name

    # The message, its lines as they were written; that of a second order below the first.
    - each: orders
      show:
        each: item.message | lines
        as: line
        show:
          text: "{{ line }}"
          type: message
        when: item.message
      gap: 5
      when: message

    # No message: a line for the giver's name, to be written by hand.
    - down:
        - text: A present for you.
          type: message
        - blank: line
          label: From
          type: body
          width: 60
          height: 9
      gap: 2
      when: not message

    - down:
        - table: items
          type: body
          head_type: caption
          columns:
            - {head: In this parcel, cell: "{{ item.qty }} × {{ item.title }}", grow: 1}
          row_gap: 0.8
          every: 5
          when: items
        - text: "{{ shop.returns }}"
          type: small
          when: shop.returns
      gap: 4
  gap: 8
