"""Every page of the demo company, as every role: valid HTML, no inline script or style, accessible at two widths.

HTML is checked by tinyhtml5's parser, accessibility by axe-core (WCAG 2.2 A and AA rules and best practice).
"""
