package main

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"
	"github.com/spf13/viper"

	"firstrod/engine"
)

// config is everything that can be set, by flag, by environment (FIRSTROD_DATA,
// FIRSTROD_CONTACT_NAME, ...), or in a YAML file, in this order.
type config struct {
	Data         string        `mapstructure:"data"`          // folder of the ledger
	Policies     string        `mapstructure:"policies"`      // folder with a base pack; empty: the one inside this program
	RulesURL     string        `mapstructure:"rules_url"`     // address of a signed bundle of rules; empty: none is fetched
	RulesKey     string        `mapstructure:"rules_key"`     // public key that must have signed it
	RulesEvery   time.Duration `mapstructure:"rules_every"`   // between two looks for newly published rules; 0: 3s in a folder, 1m at an address
	RulesTimeout time.Duration `mapstructure:"rules_timeout"` // for one request to rules_url; 0: 10s when a verb starts, 30s while serving
	Zone         string        `mapstructure:"zone"`          // time zone of new bores
	Jurisdiction string        `mapstructure:"jurisdiction"`  // whose codes hold for new bores, such as US-VA/alder; empty: the base alone
	Lang         string        `mapstructure:"lang"`          // "en" or "es"
	Contact      struct {
		Name  string `mapstructure:"name"`
		Phone string `mapstructure:"phone"`
	} `mapstructure:"contact"` // whom a crew calls when it is stuck
	Retention struct {
		Names    int `mapstructure:"names"`    // years after somebody's last word; 0: for ever
		Evidence int `mapstructure:"evidence"` // years after the bore was closed; 0: for ever
	} `mapstructure:"retention"` // how long what lies beside the ledger is kept
	Slack slackConfig `mapstructure:"slack"` // the team chat; its secrets are never settings
}

// slackConfig is how the bot takes part in a team chat.
type slackConfig struct {
	Listen  string            `mapstructure:"listen"`         // address for signed HTTP; empty: Socket Mode
	Profile string            `mapstructure:"profile"`        // which manifest the app was made from
	Roles   map[string]string `mapstructure:"roles"`          // user id -> role
	Groups  map[string]string `mapstructure:"groups"`         // user group id -> role
	Safety  string            `mapstructure:"safety_channel"` // channel id for safety managers and the day's checkpoint; empty: none
	APIURL  string            `mapstructure:"api_url"`        // only for tests: another Web API, with a / at the end
}

// configFlags are the settings that every verb takes as flags.
func configFlags(f *pflag.FlagSet) {
	f.String("config", "", "YAML file with settings (default: config.yaml in the user's firstrod folder, if there is one)")
	f.String("data", "", "folder of the ledger (default: the user's data folder)")
	f.String("policies", "", "folder with a base pack to use instead of the one inside this program")
	f.String("jurisdiction", "", "whose local rules hold for new bores, such as US-VA/alder (default: the base alone)")
	f.String("zone", "", "IANA time zone of new bores, such as America/Chicago (default: this machine's)")
	f.String("lang", "", "language: en or es")
}

func readConfig(f *pflag.FlagSet) (config, error) {
	v := viper.New()
	v.SetEnvPrefix("firstrod")
	v.SetEnvKeyReplacer(strings.NewReplacer(".", "_"))
	v.AutomaticEnv()
	defaults := map[string]string{
		"data": defaultData(), "policies": "", "rules_url": "", "rules_key": "", "rules_every": "0s", "rules_timeout": "0s", "jurisdiction": "", "zone": localZone(), "lang": "en", "contact.name": "", "contact.phone": "",
		"slack.listen": "", "slack.profile": "photos-groups", "slack.api_url": "", "slack.safety_channel": "",
		"retention.names": "0", "retention.evidence": "0",
	}
	for key, value := range defaults {
		v.SetDefault(key, value)
	}
	for _, name := range []string{"data", "policies", "jurisdiction", "zone", "lang"} {
		if flag := f.Lookup(name); flag != nil && flag.Changed {
			v.Set(name, flag.Value.String())
		}
	}
	if err := readFile(v, f); err != nil {
		return config{}, err
	}
	var c config
	if err := v.UnmarshalExact(&c); err != nil {
		return config{}, &engine.Error{Kind: engine.Usage, Say: "a setting is not known or has the wrong form", Err: err}
	}
	if c.Lang != "en" && c.Lang != "es" {
		return config{}, &engine.Error{Kind: engine.Usage, Say: "the language is en or es, not " + c.Lang}
	}
	if c.Retention.Names < 0 || c.Retention.Evidence < 0 {
		return config{}, &engine.Error{Kind: engine.Usage, Say: "a retention is a number of years, and 0 is for ever"}
	}
	if c.RulesEvery < 0 {
		return c, &engine.Error{Kind: engine.Usage, Say: "rules_every is less than nothing", Hint: "for example 3s or 1m"}
	}
	if c.RulesTimeout < 0 {
		return c, &engine.Error{Kind: engine.Usage, Say: "rules_timeout is less than nothing", Hint: "for example 10s or 1m"}
	}
	return c, nil
}

// readFile reads the settings file: the one named, which must be there, or the
// user's own, which may be missing.
func readFile(v *viper.Viper, f *pflag.FlagSet) error {
	path := f.Lookup("config").Value.String()
	named := path != ""
	if !named {
		dir, err := os.UserConfigDir()
		if err != nil {
			return nil
		}
		path = filepath.Join(dir, "firstrod", "config.yaml")
	}
	v.SetConfigFile(path)
	err := v.ReadInConfig()
	if err == nil || !named && errors.Is(err, os.ErrNotExist) {
		return nil
	}
	return &engine.Error{Kind: engine.Usage, Say: "the settings file cannot be read: " + path, Err: err}
}

// defaultData is where a user's data belongs: XDG_DATA_HOME, or its default.
func defaultData() string {
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "firstrod")
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "firstrod-data"
	}
	return filepath.Join(home, ".local", "share", "firstrod")
}

// localZone is this machine's zone by its IANA name, which Go does not tell.
func localZone() string {
	if tz := os.Getenv("TZ"); tz != "" {
		return strings.TrimPrefix(tz, ":")
	}
	if link, err := os.Readlink("/etc/localtime"); err == nil {
		if _, name, ok := strings.Cut(link, "zoneinfo/"); ok {
			return name
		}
	}
	return "UTC"
}
