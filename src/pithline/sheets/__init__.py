"""What comes out on paper and screen: drawings, cards, story poles, templates.

``svg`` draws, ``typeset`` sets pages. Both use one family of type, one scale of
five sizes and one set of colors, kept in ``svg``.
"""
