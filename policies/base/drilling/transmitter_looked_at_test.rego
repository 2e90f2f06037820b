package tests.base.drilling.transmitter_looked_at

import data.checks.base.drilling.transmitter_looked_at

seen(impacts, failed) := {"drilling": {"hard_impact": impacts, "failed_depth_check": failed}}

test_pass if transmitter_looked_at.pass with input as {"transmitter_whole": true}

test_stop if not transmitter_looked_at.pass with input as {"transmitter_whole": false}

test_not_answered if not transmitter_looked_at.pass with input as seen(1, 0)

test_text_is_no_answer if not transmitter_looked_at.pass with input as {"transmitter_whole": "yes"}

test_nothing_happened if transmitter_looked_at.exempt with input as seen(0, 0)

test_after_a_hit if not transmitter_looked_at.exempt with input as seen(1, 0)

test_after_a_failed_depth_check if not transmitter_looked_at.exempt with input as seen(0, 1)

test_hits_not_known if not transmitter_looked_at.exempt with input as {"drilling": {"failed_depth_check": 0}}

test_failed_checks_not_known if not transmitter_looked_at.exempt with input as {"drilling": {"hard_impact": 0}}

test_counts_as_text if not transmitter_looked_at.exempt with input as seen("0", "0")
