# yaml-language-server: $schema=layout.schema.json
# The label of a stamped letter: 100 mm across a 62 mm roll, with a field for the stamp.

page: {stock: 100x62mm, inset: [3.25, 4]}
makes: label

type:
  small: {size: 7pt, smallest: 6pt, leading: 1.25}
  to: {size: 13pt, smallest: 8pt, leading: 1.2}
  strong: {size: 9pt, weight: bold, smallest: 7pt, leading: 1.25}

body:
  down:
    # The post's part. The sender in two small lines, so that the address has the room.
    - across:
        - down:
            - text: "{{ [seller.company | first_of(seller.name), seller.lines | join(', '), [seller.city, seller.region, seller.postcode] | join_given(' '), seller.country_name if seller.country != ship_to.country else ''] | join_given(', ') }}"
              type: small
              fit: shrink
              height: 6.4
            - address: ship_to
              type: to
              grow: 1
          gap: 2.6
          grow: 1
        - down:
            - over:
                - box: 3dots
                - text: stamp
                  type: small
                  align: center
                  inset: [1.5, 0]
              height: 23.5
            - qr: "{{ pair.label }}"
              height: 13.2
              quiet: outside
              align: right
              sit: bottom
          gap: 2.6
          width: 25
      gap: 4
      grow: 1

    # The seller's part: the tag, the place on the bench, the pair code.
    - across:
        - tag: "{{ tag }}"
          inset: [0.5, 0]
          width: 56
          sit: bottom
        - text: "{{ position }} of {{ count }} · {{ pair.code }}"
          type: strong
          align: right
          sit: bottom
          grow: 1
      gap: 3
      height: 7
    # Laid against the top edge of its bench card, these cells meet.
    - tally: pair
      cell: 3.75
      height: 5
  gap: 1.8
