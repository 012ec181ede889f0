"""Tables as a spreadsheet that colleagues correct, and the way back, each changed cell with a verdict.

`layout` says what stands where, `left` is the hidden record of the cells as they left, `out` writes. `scan` reads the
file that came back, `returned` sets it against the record, `damage` names what a spreadsheet program or a slip of the
hand did to it, `claims` asks whose word a new value is, `judge` runs the check and the safety comparison, `beside`
writes the verdicts beside the cells, `swap` puts the accepted ones into the package whole or not at all.
"""
