package tests.base.calibration.noise_margin

import data.checks.base.calibration.noise_margin

# Incoherent noise costs 1 % of depth at 12.07 dB (derived); 12.1 dB is the limit
# tried here.
params := {"ground": {"noise_margin_mdb": 12100}}

test_pass_more if noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 12101}}} with data.params as params

test_pass_at_the_limit if noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 12100}}} with data.params as params

test_stop_a_hair_less if not noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 12099}}} with data.params as params

test_not_known if not noise_margin.pass with input as {} with data.params as params

test_as_text if not noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": "12.1 dB"}}} with data.params as params

test_no_limit if not noise_margin.pass with input as {"frequency": {"derived": {"noise_margin_mdb": 12100}}} with data.params as {}
