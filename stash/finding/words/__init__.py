"""The search box: plain words in any order become conditions, each shown and removable.

Nothing typed is an error: what is not a word of ours is looked for in the text of the fabrics.
``patterns`` takes whole phrases out, ``scanning`` reads what is left word by word, ``grammar``
puts “not”, “or” and “and” to what they belong to.
"""

from stash.finding.words.known import Known
from stash.finding.words.plain import PLAIN_WORDS
from stash.finding.words.reading import read_words

__all__ = ["PLAIN_WORDS", "Known", "read_words"]
