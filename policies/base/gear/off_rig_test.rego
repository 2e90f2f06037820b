package tests.base.gear.off_rig

import data.checks.base.gear.off_rig

test_pass_free if off_rig.pass with input as {"off_rig": true}

test_stop_on_the_rig if not off_rig.pass with input as {"off_rig": false}

test_not_answered if not off_rig.pass with input as {}

test_text_is_no_answer if not off_rig.pass with input as {"off_rig": "yes"}
