/** Serves docs/api.md from memory, and the built page, for page tests without the binary: node dev/mock.mjs [PORT] */
import { createServer } from 'node:http';
import { readFile } from 'node:fs/promises';
import { extname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { gzipSync } from 'node:zlib';
import { prove, problemsOf } from './proof.mjs';
import { stations } from './stations.mjs';

const dist = join(fileURLToPath(new URL('.', import.meta.url)), '..', 'dist');
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; font-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";
const types = { '.html': 'text/html; charset=utf-8', '.js': 'text/javascript', '.css': 'text/css', '.svg': 'image/svg+xml', '.webmanifest': 'application/manifest+json' };

const tokensOf = (path) => path.slice(1).split('/').map((t) => t.replace(/~1/g, '/').replace(/~0/g, '~'));
const keyIn = (holder, token) => (Array.isArray(holder) ? (/^\d+$/.test(token) ? Number(token) : holder.findIndex((x) => x?.id === token)) : token);
const valueAt = (document, path) => tokensOf(path).reduce((here, token) => here?.[keyIn(here, token)], document);
const overlaps = (a, b) => a === b || a.startsWith(`${b}/`) || b.startsWith(`${a}/`);

function apply(document, { path, value }) {
  const copy = structuredClone(document);
  const tokens = tokensOf(path);
  if (tokens[0] === 'readings') copy.readings ??= [];
  const last = tokens.pop();
  const holder = tokens.reduce((here, token) => here?.[keyIn(here, token)], copy);
  if (holder === undefined) throw Object.assign(new Error(`there is no '${path}'`), { status: 422 });
  const key = keyIn(holder, last);
  if (value === undefined) Array.isArray(holder) ? holder.splice(key, 1) : delete holder[key];
  else if (Array.isArray(holder) && (key < 0 || key >= holder.length)) holder.push(value);
  else holder[key] = value;
  return copy;
}

const counts = (report) => report.findings.reduce((sum, { verdict }) => (verdict ? { ...sum, [verdict]: sum[verdict] + 1 } : sum), { holds: 0, fails: 0, too_close: 0, open: 0 });
const name = (finding) => finding.id + JSON.stringify(finding.where);
const standing = (finding) => ({ value: finding?.value ?? null, expanded: finding?.expanded, verdict: finding?.verdict ?? null });

export class Mock {
  engines = new Map();
  entries = [];
  answers = new Map();
  listeners = new Set();
  failing = false;

  state(id) {
    const engine = this.engines.get(id);
    const undo = engine.done.at(-1);
    const redo = engine.undone.at(-1);
    const step = (entry) => entry && { entry: entry.entry, by: entry.by, at: entry.at, says: entry.operations.map((one) => one.path).join(', ') };
    return { id, name: engine.document.name, version: engine.version, document: engine.document, report: prove(engine.document), can_undo: step(undo) ?? null, can_redo: step(redo) ?? null };
  }

  write(id, kind, document, body, operations, undoes) {
    const engine = this.engines.get(id) ?? { done: [], undone: [], document: {}, version: 0 };
    const before = engine.version ? prove(engine.document) : { findings: [] };
    const entry = { entry: this.entries.length + 1, at: new Date().toISOString(), by: body.by ?? '', device: body.device ?? '', kind, engine: id, operations, undoes: undoes ?? null, before: engine.document, after: document };
    this.entries.push(entry);
    const previous = engine.version;
    Object.assign(engine, { document, version: entry.entry, changed_at: entry.at, by: entry.by });
    this.engines.set(id, engine);
    const report = prove(document);
    const old = new Map(before.findings.map((one) => [name(one), one]));
    const moved = report.findings
      .filter((one) => JSON.stringify(standing(old.get(name(one)))) !== JSON.stringify(standing(one)))
      .map((one) => ({ id: one.id, where: one.where, unit: one.unit, from: standing(old.get(name(one))), to: standing(one) }));
    for (const listener of this.listeners) listener(entry);
    return { entry, answer: { version: entry.entry, entry: entry.entry, previous, moved, report } };
  }

  create(body) {
    const id = `e${this.engines.size + 1}`;
    const document = body.copy_of ? { ...structuredClone(this.engines.get(body.copy_of).document), name: body.name } : body.document;
    const problems = problemsOf(document);
    if (problems.length) return [422, { error: { code: 'unsound', says: 'The document would not be sound.', problems } }];
    this.write(id, 'create', document, body, []);
    return [201, { id, version: this.engines.get(id).version }];
  }

  change(id, body) {
    const engine = this.engines.get(id);
    const clash = body.operations.flatMap(({ path, value }) => {
      const met = this.entries.filter((e) => e.engine === id && e.entry > body.base && e.operations.some((one) => overlaps(one.path, path))).at(-1);
      return met ? [{ path, present: valueAt(engine.document, path) ?? null, refused: value ?? null, by: met.by, at: met.at, entry: met.entry }] : [];
    });
    if (clash.length) return [409, { error: { code: 'conflict', says: 'Somebody changed the same place.' }, conflicts: clash, version: engine.version }];
    const operations = body.operations.map((one) => ({ ...one, before: valueAt(engine.document, one.path) }));
    const document = body.operations.reduce(apply, engine.document);
    const problems = problemsOf(document);
    if (problems.length) return [422, { error: { code: 'unsound', says: 'The document would not be sound.', problems } }];
    const { entry, answer } = this.write(id, 'change', document, body, operations);
    engine.done.push(entry);
    engine.undone = [];
    return [200, answer];
  }

  step(id, kind, body) {
    const engine = this.engines.get(id);
    const [from, to] = kind === 'undo' ? [engine.done, engine.undone] : [engine.undone, engine.done];
    const target = from.pop();
    if (!target) return [422, { error: { code: 'nothing_to_do', says: `There is nothing to ${kind}.` } }];
    to.push(target);
    const { answer } = this.write(id, kind, kind === 'undo' ? target.before : target.after, body, target.operations.map(({ path, value, before }) => ({ path, before: value, value: before })), target.entry);
    return [200, answer];
  }

  post(parts, body) {
    if (this.failing) return [503, { error: { code: 'cannot_write', says: 'The ledger cannot write: the disk is full.' } }];
    if (this.answers.has(body.change_key)) return this.answers.get(body.change_key);
    const [, id, verb] = parts;
    if (id && !this.engines.has(id)) return [404, { error: { code: 'not_found', says: 'There is no such engine.' } }];
    let answer;
    if (!id) answer = this.create(body);
    else if (verb === 'changes') answer = this.change(id, body);
    else if (verb === 'undo' || verb === 'redo') answer = this.step(id, verb, body);
    else if (verb === 'what-if') return [200, { report: prove(body.operations.reduce(apply, this.engines.get(id).document)), moved: [] }];
    else if (verb === 'rename') answer = [200, this.write(id, 'rename', { ...this.engines.get(id).document, name: body.name }, body, [{ path: '/name', value: body.name }]).answer];
    else return [404, { error: { code: 'not_found', says: 'No such route.' } }];
    if (answer[0] < 300 && body.change_key) this.answers.set(body.change_key, answer);
    return answer;
  }

  get(parts, query) {
    const [first, id, verb] = parts;
    if (first === 'stations') return [200, { stations }];
    if (first !== 'engines') return [404, { error: { code: 'not_found', says: 'No such route.' } }];
    if (!id) {
      const rows = [...this.engines].map(([key, engine]) => {
        const report = prove(engine.document);
        return { id: key, name: engine.document.name, layout: engine.document.engine.layout, version: engine.version, changed_at: engine.changed_at, by: engine.by, verdicts: counts(report), mistakes: report.mistakes.length };
      });
      return [200, { engines: rows }];
    }
    if (!this.engines.has(id)) return [404, { error: { code: 'not_found', says: 'There is no such engine.' } }];
    if (!verb) return [200, this.state(id)];
    if (verb === 'export') return [200, this.engines.get(id).document];
    const before = Number(query.get('before') ?? Infinity);
    const entries = this.entries.filter((one) => one.engine === id && one.entry < before).reverse().slice(0, Number(query.get('most') ?? 50));
    return [200, { entries: entries.map(({ before: _, after, engine, ...one }) => one) }];
  }

  events(request, response) {
    response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    response.write(': hello\n\n');
    const send = (e) => response.write(`id: ${e.entry}\nevent: changed\ndata: ${JSON.stringify({ engine: e.engine, version: e.entry, entry: e.entry, kind: e.kind, by: e.by, device: e.device })}\n\n`);
    const last = request.headers['last-event-id'];
    if (last) this.entries.filter((e) => e.entry > Number(last)).forEach(send);
    this.listeners.add(send);
    request.on('close', () => this.listeners.delete(send));
  }

  async file(path, response) {
    const wanted = path === '/' ? '/index.html' : normalize(path);
    try {
      const content = await readFile(join(dist, wanted));
      response.writeHead(200, { 'content-type': types[extname(wanted)] ?? 'application/octet-stream', 'content-encoding': 'gzip', 'content-security-policy': policy, 'x-content-type-options': 'nosniff' });
      response.end(gzipSync(content));
    } catch {
      response.writeHead(404).end();
    }
  }

  async answer(request, response) {
    const url = new URL(request.url, 'http://localhost');
    const parts = url.pathname.split('/').filter(Boolean);
    if (parts.shift() !== 'api') return this.file(url.pathname, response);
    if (parts[0] === 'events') return this.events(request, response);
    let result;
    try {
      let text = '';
      for await (const chunk of request) text += chunk;
      result = request.method === 'GET' ? this.get(parts, url.searchParams) : this.post(parts, JSON.parse(text));
    } catch (error) {
      result = [error.status ?? 400, { error: { code: 'bad', says: error.message } }];
    }
    response.writeHead(result[0], { 'content-type': 'application/json', 'cache-control': 'no-store', 'content-security-policy': policy });
    return response.end(JSON.stringify(result[1]));
  }
}

export function startMock(port = 0) {
  const mock = new Mock();
  const server = createServer((request, response) => void mock.answer(request, response));
  return new Promise((resolve) => {
    server.listen(port, '127.0.0.1', () => {
      const stop = () => { server.closeAllConnections(); server.close(); };
      resolve({ mock, url: `http://127.0.0.1:${server.address().port}`, stop });
    });
  });
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { url } = await startMock(Number(process.argv[2] ?? 8731));
  console.log(`page and mock at ${url}`);
}
