"""How the window's own parts look; colours come from the platform, light or dark."""

STYLE = """
QFrame#prompt { background: palette(alternate-base); border: 1px solid palette(mid);
  border-radius: 8px; }
QLabel#heading { font-size: 15pt; font-weight: 600; }
QLabel#lines { font-size: 11pt; }
QLabel#hint { font-style: italic; padding: 0 10px 2px 10px; }
QPushButton#next { font-weight: 600; padding: 8px 12px; }
QPushButton#stage { padding: 7px 10px; }
QPushButton#stage:checked { font-weight: 700; }
QFrame#notice { background: palette(alternate-base); border: 1px solid palette(mid);
  border-radius: 6px; }
QFrame#notice[trouble="true"] { border-left: 6px solid #d55e00; }
QToolButton { padding: 4px 8px; }
QToolButton:checked:enabled, QPushButton#stage:checked { background: palette(highlight);
  color: palette(highlighted-text); border: 1px solid palette(highlight); border-radius: 4px; }
"""
