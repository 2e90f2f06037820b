package tests.base.crew.radio

import data.checks.base.crew.radio

test_pass_heard if radio.pass with input as {"radio_checked": true}

test_stop_not_heard if not radio.pass with input as {"radio_checked": false}

test_not_answered if not radio.pass with input as {}

test_text_is_no_answer if not radio.pass with input as {"radio_checked": "yes"}
