package tests.base.crew.strike_alarm

import data.checks.base.crew.strike_alarm

test_pass_sounded if strike_alarm.pass with input as {"strike_alarm_tested": true}

test_stop_silent if not strike_alarm.pass with input as {"strike_alarm_tested": false}

test_not_answered if not strike_alarm.pass with input as {}

test_text_is_no_answer if not strike_alarm.pass with input as {"strike_alarm_tested": "yes"}
