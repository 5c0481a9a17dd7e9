body: {include: a6.yaml}
