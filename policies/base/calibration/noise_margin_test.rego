package tests.base.calibration.noise_margin

import data.checks.base.calibration.noise_margin

# Noise against the beat of the signal costs 5 % of depth at 17.32 dB (derived); 17.4 dB is the limit
# tried here.
params := {"ground": {"noise_margin_mdb": 17400}}

test_pass_more if noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 17401}}} with data.params as params

test_pass_at_the_limit if noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 17400}}} with data.params as params

test_stop_a_hair_less if not noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 17399}}} with data.params as params

test_not_known if not noise_margin.pass with input as {} with data.params as params

test_as_text if not noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": "17.4 dB"}}} with data.params as params

test_no_limit if not noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 17400}}} with data.params as {}
