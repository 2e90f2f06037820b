package tests.base.calibration.square

import data.checks.base.calibration.square

test_pass_square if square.pass with input as {"transmitter_square": true}

test_stop_askew if not square.pass with input as {"transmitter_square": false}

test_not_answered if not square.pass with input as {}

test_text_is_no_answer if not square.pass with input as {"transmitter_square": "yes"}
