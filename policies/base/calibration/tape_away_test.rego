package tests.base.calibration.tape_away

import data.checks.base.calibration.tape_away

test_pass_away if tape_away.pass with input as {"tape_away": true}

test_stop_on_the_line if not tape_away.pass with input as {"tape_away": false}

test_not_answered if not tape_away.pass with input as {}

test_text_is_no_answer if not tape_away.pass with input as {"tape_away": "yes"}
