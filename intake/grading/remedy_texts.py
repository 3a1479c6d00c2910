"""Next steps that several rules share, each sentence once."""

HAND_OVER = "Hand it to the recycle stream."
HAND_OVER_DAMAGED = "Keep it apart, do not charge it, and hand it to the recycle stream as damaged."
HAND_OVER_UNCHARGED = "Do not charge it; keep it apart and hand it to the recycle stream as damaged."
REPEAT_TEST = "Recover and charge it fully, then repeat this test and hold-test it."
METER_OR_CAPACITY = "Read it again with a better meter, or measure its capacity by a discharge."
OFFER = "Charge it, then offer it with its condition sheet."
