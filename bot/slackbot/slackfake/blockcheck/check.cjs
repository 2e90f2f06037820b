// Reads {modules, scratch, payloads: [{kind, json}]} from standard input and
// prints {limits, problems: [[string]]}: what the published types of the chat
// service (@slack/types, @slack/web-api) say against each payload.
'use strict';
const fs = require('fs');
const path = require('path');
const { createHash } = require('crypto');
const { createRequire } = require('module');
const { pathToFileURL } = require('url');
const { spawnSync } = require('child_process');

const NAMES = { message: 'Message', modal: 'Modal', home: 'Home', manifest: 'AppManifest' };
// Views are narrowed to known blocks: the published views take any object with
// a type as a block. The manifest's types name every scope and event.
const TYPES = `import type { KnownBlock, ModalView, HomeView } from '@slack/types';
import type { AppsManifestCreateArguments } from '@slack/web-api';
export type AppManifest = AppsManifestCreateArguments['manifest'];
export type Message = KnownBlock[];
export interface Modal extends Omit<ModalView, 'blocks'> { blocks: KnownBlock[] }
export interface Home extends Omit<HomeView, 'blocks'> { blocks: KnownBlock[] }
`;

// schema makes a JSON Schema of the types, or takes the one made before from
// the same versions.
async function schema(modules, scratch, load) {
  const digest = createHash('sha256').update(TYPES).digest('hex').slice(0, 12);
  const kept = path.join(modules, `schema-${digest}.json`);
  if (fs.existsSync(kept)) return JSON.parse(fs.readFileSync(kept, 'utf8'));
  const entry = path.join(scratch, 'entry.ts');
  fs.writeFileSync(entry, TYPES);
  const generator = await import(pathToFileURL(load.resolve('ts-json-schema-generator')).href);
  const made = generator.createGenerator({
    path: entry, type: '*', skipTypeCheck: true, additionalProperties: false, expose: 'all',
  }).createSchema('*');
  const draft = path.join(scratch, 'schema.json');
  fs.writeFileSync(draft, JSON.stringify(made));
  try {
    fs.copyFileSync(draft, kept + '.' + process.pid);
    fs.renameSync(kept + '.' + process.pid, kept);
  } catch { /* a read-only cache: made again next time */ }
  return made;
}

// lift turns the limits that the types state only in their comments into
// schema keywords, and counts them.
function lift(root) {
  let count = 0;
  const set = (node, key, value) => {
    if (node[key] === undefined) { node[key] = value; count++; }
  };
  const inner = (node) => {
    if (node.type === 'string') return node;
    node.properties = node.properties || {};
    node.properties.text = node.properties.text || {};
    return node.properties.text;
  };
  const sentence = (node, text) => {
    const most = text.match(/\bmax(?:imum)?\b(?:(?!\bmin)[^.])*?`?(\d+)\b/i);
    const least = text.match(/\bmin(?:imum)?\b(?:(?!\bmax)[^.])*?`?(\d+)\b/i);
    const items = node.type === 'array';
    if (/character/i.test(text)) {
      let target = node;
      if (items) target = node.items = node.items.$ref ? { allOf: [node.items] } : node.items;
      if (most) set(inner(target), 'maxLength', Number(most[1]));
      if (least) set(inner(target), 'minLength', Number(least[1]));
    } else if (items && /each row/i.test(text)) {
      if (most && node.items.type === 'array') set(node.items, 'maxItems', Number(most[1]));
    } else if (items) {
      if (most) set(node, 'maxItems', Number(most[1]));
      if (least) set(node, 'minItems', Number(least[1]));
    } else if (node.type === 'number') {
      const between = text.match(/between (\d+) and (\d+)/i);
      if (between) { set(node, 'minimum', Number(between[1])); set(node, 'maximum', Number(between[2])); }
      if (most) set(node, 'maximum', Number(most[1]));
      if (least) set(node, 'minimum', Number(least[1]));
    }
  };
  const visit = (node) => {
    if (Array.isArray(node)) return node.forEach(visit);
    if (!node || typeof node !== 'object') return;
    for (const property of Object.values(node.properties || {})) {
      if (typeof property.description !== 'string') continue;
      const plain = property.description.replace(/\{@link[^}]*\}/g, '').replace(/\s+/g, ' ');
      plain.split(/\.\s/).forEach((text) => sentence(property, text));
    }
    Object.values(node).forEach(visit);
  };
  visit(root.definitions);
  return count;
}

// explainer says why a payload was refused. A union lets every branch complain,
// so each object is held against the one definition that its own "type" names.
function explainer(ajv, root) {
  const byType = {};
  for (const [name, d] of Object.entries(root.definitions)) {
    const kind = d.properties && d.properties.type && d.properties.type.const;
    if (kind) (byType[kind] = byType[kind] || []).push(name);
  }
  const measures = ['maxLength', 'minLength', 'maxItems', 'minItems', 'maximum', 'minimum', 'enum'];
  const line = (at, e) => {
    const { additionalProperty, limit, allowedValue, missingProperty } = e.params;
    const extra = additionalProperty || limit || allowedValue || missingProperty || '';
    return `schema: ${at}${e.instancePath} ${e.message} ${extra}`.trim();
  };
  const visit = (node, at, lines) => {
    if (node === null || typeof node !== 'object') return;
    const names = byType[node.type] || [];
    if (typeof node.type === 'string' && names.length === 0) lines.push(`schema: ${at}/type no such type ${node.type}`);
    if (names.length === 1) {
      const check = ajv.getSchema('types#/definitions/' + names[0]);
      if (!check(node)) {
        check.errors.filter((e) => measures.includes(e.keyword) || e.keyword !== 'anyOf' && !/\/\w+\//.test(e.instancePath + '/'))
          .forEach((e) => lines.push(line(at, e)));
      }
    }
    for (const [key, child] of Object.entries(node)) visit(child, at + '/' + key, lines);
  };
  return (payload, errors) => {
    const lines = [];
    visit(payload, '', lines);
    if (lines.length === 0) errors.forEach((e) => lines.push(line('', e)));
    return [...new Set(lines)].slice(0, 5);
  };
}

// typed lets the type checker of the language judge each payload as a literal.
function typed(payloads, scratch, load) {
  const file = path.join(scratch, 'payloads.ts');
  const lines = payloads.map((p, i) => `export const p${i}: ${NAMES[p.kind]} = ${JSON.stringify(JSON.parse(p.json))};`);
  fs.writeFileSync(file, TYPES + lines.join('\n') + '\n');
  const tsc = path.join(path.dirname(load.resolve('typescript/package.json')), 'bin', 'tsc');
  const run = spawnSync(process.execPath, [tsc, '--noEmit', '--strict', '--pretty', 'false', '--skipLibCheck',
    '--module', 'nodenext', '--moduleResolution', 'nodenext', '--target', 'es2022', '--types', '', file], { encoding: 'utf8', cwd: scratch });
  const first = TYPES.split('\n').length;
  const problems = payloads.map(() => []);
  let placed = 0;
  for (const m of run.stdout.matchAll(/payloads\.ts\((\d+),\d+\): error (TS\d+: [^\n]*)/g)) {
    const at = Number(m[1]) - first;
    if (problems[at]) { problems[at].push('type: ' + m[2]); placed++; }
  }
  if (run.status !== 0 && placed === 0) throw new Error('tsc: ' + run.stdout + run.stderr);
  return problems;
}

async function main() {
  const { modules, scratch, payloads } = JSON.parse(fs.readFileSync(0, 'utf8'));
  const load = createRequire(path.join(modules, 'node_modules', 'x.js'));
  fs.symlinkSync(path.join(modules, 'node_modules'), path.join(scratch, 'node_modules'));
  const root = await schema(modules, scratch, load);
  const limits = lift(root);
  const Ajv = load('ajv').default || load('ajv');
  const ajv = new Ajv({ strict: false, allErrors: true });
  ajv.addSchema(root, 'types');
  const explain = explainer(ajv, root);
  const types = typed(payloads, scratch, load);
  const problems = payloads.map((p, i) => {
    const check = ajv.getSchema('types#/definitions/' + NAMES[p.kind]);
    const payload = JSON.parse(p.json);
    const ok = check(payload);
    return [...(ok ? [] : explain(payload, check.errors)), ...types[i]];
  });
  process.stdout.write(JSON.stringify({ limits, problems }));
}

main().catch((err) => { console.error(err); process.exit(1); });
