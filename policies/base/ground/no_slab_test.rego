package tests.base.ground.no_slab

import data.checks.base.ground.no_slab

test_pass_none if no_slab.pass with input as {"slab_or_rebar": false}

test_stop_there_is if not no_slab.pass with input as {"slab_or_rebar": true}

test_not_answered if not no_slab.pass with input as {}

test_text_is_no_answer if not no_slab.pass with input as {"slab_or_rebar": "no"}
