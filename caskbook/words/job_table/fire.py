"""Rows of the job table. Fire work and sulphur."""

from caskbook.words.job_table.row import JobRow

ROWS = (
    JobRow(
        "shave",
        "fire",
        "fire.charring.Shave",
        past="shaved:",
        many="shaved",
        synonyms=("de-char", "scrape", "shaving", "scraping", "plane"),
        example="shave TH-004217 flail --depth 2",
        loosens="shaved",
        turn=6,
        traits=("fire-work",),
    ),
    JobRow(
        "toast",
        "fire",
        "fire.charring.Toast",
        past="toasted",
        many="toasted",
        synonyms=("toasting", "re-toast"),
        example="toast TH-004217 medium --minutes 20",
        loosens="toasted",
        turn=7,
        letter="F",
        traits=("fire-work", "seldom"),
    ),
    JobRow(
        "char",
        "fire",
        "fire.charring.Char",
        many="charred",
        synonyms=("rechar", "re-fire", "charring", "recharring"),
        example="char TH-004217 --level 3 --seconds 40",
        loosens="charred",
        turn=7,
        letter="F",
        traits=("fire-work",),
    ),
    JobRow(
        "sulphur",
        "fire",
        "fire.sulphuring.Sulphur",
        past="sulphured,",
        many="sulphured",
        synonyms=("sulphuring", "sulphur stick", "sulphur candle", "burn sulphur"),
        example="sulphur TH-004217 --grams 5 --why 'stands till spring'",
        traits=("seldom",),
    ),
)
