"""The Qt application: window, canvas, board strip, stages. The only place that imports PySide6.

Widgets hold no facts: they show a Home and emit Changes. News flows one way, document → adapter → widgets.
"""
