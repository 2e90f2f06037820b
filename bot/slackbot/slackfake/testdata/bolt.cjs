// An app on the official JavaScript library, driven by bolt_test.go: it prints
// one line of JSON for everything it receives, and ends when its input ends.
'use strict';
const path = require('path');
const { createRequire } = require('module');

const say = (line) => process.stdout.write(JSON.stringify(line) + '\n');

async function socketMode(cfg, bolt) {
  const receiver = new bolt.SocketModeReceiver({
    appToken: cfg.appToken, logLevel: 'error', clientPingTimeout: 300, serverPingTimeout: 5000,
    installerOptions: { clientOptions: { slackApiUrl: cfg.api } },
  });
  receiver.client.on('connected', () => say({ got: 'connected' }));
  const app = new bolt.App({ token: cfg.botToken, receiver, logLevel: 'error', clientOptions: { slackApiUrl: cfg.api } });
  app.event('message', async ({ event, body, client }) => {
    say({ got: 'message', text: event.text, thread: event.thread_ts, id: body.event_id, bot: Boolean(event.bot_id) });
    if (event.bot_id || event.subtype || !event.text.startsWith('ask')) return;
    await client.chat.postMessage({
      channel: event.channel, thread_ts: event.thread_ts || event.ts, text: 'Depth?',
      blocks: [
        { type: 'section', text: { type: 'mrkdwn', text: 'Depth?' } },
        { type: 'actions', block_id: 'q1', elements: [{ type: 'button', action_id: 'yes', value: 'yes', text: { type: 'plain_text', text: 'Yes' } }] },
      ],
    });
  });
  app.event('app_mention', async ({ event }) => say({ got: 'app_mention', text: event.text }));
  app.command(/.*/, async ({ command, ack, client }) => {
    await ack({ text: 'opening' });
    const opened = await client.views.open({
      trigger_id: command.trigger_id,
      view: {
        type: 'modal', callback_id: 'values', title: { type: 'plain_text', text: 'Values' }, submit: { type: 'plain_text', text: 'Save' },
        blocks: [{ type: 'input', block_id: 'depth', label: { type: 'plain_text', text: 'Depth' }, element: { type: 'plain_text_input', action_id: 'v' } }],
      },
    });
    say({ got: 'command', text: command.text, view: opened.view.id });
  });
  app.action('yes', async ({ action, body, ack, client }) => {
    await ack();
    await client.chat.update({ channel: body.channel.id, ts: body.message.ts, text: 'Depth: yes', blocks: [] });
    say({ got: 'action', value: action.value, thread: body.container.thread_ts });
  });
  app.view('values', async ({ view, ack }) => {
    const value = view.state.values.depth.v.value;
    if (value === 'bad') await ack({ response_action: 'errors', errors: { depth: 'a number, please' } });
    else await ack();
    say({ got: 'view', value });
  });
  app.shortcut('new_bore', async ({ shortcut, ack }) => { await ack(); say({ got: 'shortcut', id: shortcut.callback_id }); });
  await app.start();
  return () => app.stop();
}

async function overHTTP(cfg, bolt) {
  const receiver = new bolt.HTTPReceiver({ signingSecret: cfg.signingSecret, logLevel: 'error' });
  const app = new bolt.App({ token: cfg.botToken, receiver, logLevel: 'error', clientOptions: { slackApiUrl: cfg.api } });
  app.event('message', async ({ event }) => say({ got: 'message', text: event.text }));
  app.command(/.*/, async ({ command, ack }) => { await ack(); say({ got: 'command', text: command.text }); });
  app.action('yes', async ({ action, ack }) => { await ack(); say({ got: 'action', value: action.value }); });
  const server = await app.start({ port: 0, host: '127.0.0.1' });
  say({ got: 'listening', text: String(server.address().port) });
  return () => app.stop();
}

async function main() {
  const cfg = JSON.parse(process.argv[2]);
  const load = createRequire(path.join(cfg.modules, 'node_modules', 'x.js'));
  const bolt = load('@slack/bolt');
  const stop = await (cfg.http ? overHTTP : socketMode)(cfg, bolt);
  process.stdin.on('end', async () => { await Promise.race([stop(), new Promise((r) => setTimeout(r, 500))]); process.exit(0); });
  process.stdin.resume();
}

main().catch((err) => { console.error(err); process.exit(1); });
