// Runs before each script of the root package.json, so that every one of them works on a fresh clone.
// Installs the dependencies when node_modules is missing or older than the lock; with --browser also sees to it
// that a Chromium is there for the browser tests.
import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';

const STAMP = 'node_modules/.syncline-lock-hash';
const CHROMIUM_PLACES = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/snap/bin/chromium',
];

function run(command, args, environment = {}) {
  const result = spawnSync(command, args, { stdio: 'inherit', env: { ...process.env, ...environment } });
  return result.status === 0;
}

function lockHash() {
  const lock = existsSync('package-lock.json') ? readFileSync('package-lock.json') : '';
  return createHash('sha256').update(lock).update(process.versions.modules).digest('hex');
}

function ensureInstalled() {
  if (existsSync(STAMP) && readFileSync(STAMP, 'utf8') === lockHash()) return;
  console.log('Installing dependencies (about two minutes the first time: one of them is compiled) ...');
  if (!run('npm', ['ci', '--no-audit', '--no-fund'])) {
    console.error('npm ci failed. Needed: Node 20.19 or newer, npm 11, python3, make and a C++ compiler.');
    process.exit(1);
  }
  writeFileSync(STAMP, lockHash());
}

function ensureBrowser() {
  const named = process.env.CHROMIUM_PATH;
  if (named ? existsSync(named) : CHROMIUM_PLACES.some(existsSync)) return;
  const mayInstall = process.getuid?.() === 0 && existsSync('/usr/bin/apt-get');
  if (mayInstall) {
    console.log('Installing Chromium for the browser tests ...');
    const quiet = { DEBIAN_FRONTEND: 'noninteractive' };
    run('apt-get', ['update', '-qq'], quiet);
    if (run('apt-get', ['install', '-y', '-qq', 'chromium', 'fonts-dejavu-core'], quiet)) return;
  }
  console.error(
    'The browser tests need Chromium. Install it (Debian: `apt-get install chromium`) or name one in CHROMIUM_PATH.',
  );
  process.exit(1);
}

const [major, minor] = process.versions.node.split('.').map(Number);
if (major < 20 || (major === 20 && minor < 19)) {
  console.error(`Node ${process.versions.node} is too old: Syncline needs 20.19 or newer.`);
  process.exit(1);
}
ensureInstalled();
if (process.argv.includes('--browser')) ensureBrowser();
