# yaml-language-server: $schema=layout.schema.json
# The packing slip on US Letter: that on A4 with another paper; runs on over pages.

# To change more than the paper, copy `slip-a4` and change its `stock`.
page: {stock: letter, inset: [16, 18, 14, 18]}
makes: slip
flow: true

head: {include: slip-a4, part: head}
foot: {include: slip-a4, part: foot}
body: {include: slip-a4}
