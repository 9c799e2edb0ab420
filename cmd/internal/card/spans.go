package card

func joinSpans([]item) {}
