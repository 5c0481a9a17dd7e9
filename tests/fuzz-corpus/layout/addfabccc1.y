body: {include: a5.yaml}
