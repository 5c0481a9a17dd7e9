# yaml-language-server: $schema=layout.schema.json
# The parcel label on 100×150 mm stock: that on 4×6 in with another paper.

# To change more than the paper, copy `label-4x6in` and change its `stock`.
page: {stock: 100x150mm, inset: 4}
makes: label

body: {include: label-4x6in}
