"""How a spec begins: from answers, from a form that was filled in, or from readings kept in a spreadsheet.

What is written is a text for a drafter to go on with, so it carries remarks, and every remark is true.
"""
