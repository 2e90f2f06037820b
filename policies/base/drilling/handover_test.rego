package tests.base.drilling.handover

import data.checks.base.drilling.handover

test_pass if handover.pass with input as {"handover_done": true}

test_stop if not handover.pass with input as {"handover_done": false}

test_not_answered if not handover.pass with input as {"drilling": {"new_shift": 1}}

test_text_is_no_answer if not handover.pass with input as {"handover_done": "yes"}

test_first_shift_has_nothing_to_hand_over if handover.exempt with input as {"drilling": {"new_shift": 0}}

test_second_shift_has if not handover.exempt with input as {"drilling": {"new_shift": 1}}

test_count_not_known if not handover.exempt with input as {"drilling": {}}

test_count_as_text if not handover.exempt with input as {"drilling": {"new_shift": "0"}}
