package tests.base.ground.background

import data.checks.base.ground.background

test_pass_measured if background.pass with input as {"frequency": {"background": 42000}}

test_pass_below_zero if background.pass with input as {"frequency": {"background": -42000}}

test_not_measured if not background.pass with input as {"frequency": {}}

test_as_text if not background.pass with input as {"frequency": {"background": "low"}}
