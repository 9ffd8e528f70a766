import { spawnSync } from 'node:child_process';
import { createPrivateKey, createPublicKey, type KeyObject } from 'node:crypto';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, describe, expect, it } from 'vitest';
import { signingKeyOf } from '../src/services/signing-key.js';
import { verifyContent } from '../src/services/verify-content.js';

interface Vector {
  readonly seed: string;
  readonly public: string;
  readonly message: string;
  readonly signature: string;
}

/** RFC 8032 section 7.1, tests 1 to 3. */
const RFC_8032: readonly Vector[] = [
  {
    seed: '9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60',
    public: 'd75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a',
    message: '',
    signature:
      'e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b',
  },
  {
    seed: '4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb',
    public: '3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c',
    message: '72',
    signature:
      '92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00',
  },
  {
    seed: 'c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7',
    public: 'fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025',
    message: 'af82',
    signature:
      '6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a',
  },
];

const SHARED = fileURLToPath(new URL('../../../../shared/reference/ed25519.json', import.meta.url));
const shared: readonly Vector[] = existsSync(SHARED) ? JSON.parse(readFileSync(SHARED, 'utf8')).vectors : [];
if (shared.length === 0) console.warn('The vectors in ../shared are absent; those typed in here are used.');
const VECTORS = [...RFC_8032, ...shared].map((vector, i) => [i + 1, vector] as const);

// Heads of DER that stand before the 32 bytes of a key, RFC 8410 sections 4 and 7.
const PRIVATE_HEAD = '302e020100300506032b657004220420';
const PUBLIC_HEAD = '302a300506032b6570032100';
const der = (head: string, hex: string) => Buffer.from(`${head}${hex}`, 'hex');
const privateKeyOf = ({ seed }: Vector): KeyObject =>
  createPrivateKey({ key: der(PRIVATE_HEAD, seed), format: 'der', type: 'pkcs8' });
const pemOf = (vector: Vector) =>
  createPublicKey({ key: der(PUBLIC_HEAD, vector.public), format: 'der', type: 'spki' })
    .export({ type: 'spki', format: 'pem' })
    .toString();
const base64 = (hex: string) => Buffer.from(hex, 'hex').toString('base64');

describe('Ed25519 as RFC 8032 has it', () => {
  it.each(VECTORS)('signs vector %i to the byte', (_, vector) => {
    const key = signingKeyOf(privateKeyOf(vector));
    expect(key.publicKeyHex).toBe(vector.public);
    expect(Buffer.from(key.sign(Buffer.from(vector.message, 'hex'))).toString('hex')).toBe(vector.signature);
  });

  it.each(VECTORS)('verifies vector %i, and no other message or signature', (_, vector) => {
    const content = Buffer.from(vector.message, 'hex');
    const files = { content, signature: base64(vector.signature), publicKey: pemOf(vector) };
    expect(verifyContent(files)).toMatchObject({ kind: 'verified', form: 'content' });
    expect(verifyContent({ ...files, content: Buffer.concat([content, Buffer.of(0)]) }).kind).toBe('refuted');
    const flipped = Buffer.from(vector.signature, 'hex');
    flipped[0] ^= 1;
    expect(verifyContent({ ...files, signature: flipped.toString('base64') }).kind).toBe('refuted');
  });
});

const folder = mkdtempSync(join(tmpdir(), 'syncline-verify-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function fileOf(name: string, content: string): string {
  writeFileSync(join(folder, name), content);
  return join(folder, name);
}

describe('npm run verify', () => {
  const key = signingKeyOf(privateKeyOf(RFC_8032[0]));
  const content = '{"layoutVersion":1,"platformId":"skua","tables":{}}';
  const document = `{"content":${content},"format":"syncline-calibration"}`;
  const signature = Buffer.from(key.sign(Buffer.from(content))).toString('base64');
  const otherKey = signingKeyOf(privateKeyOf(RFC_8032[1]));

  const pem = fileOf('key.pem', key.publicKeyPem);
  const signed = fileOf('signature.json', JSON.stringify({ algorithm: 'Ed25519', keyId: key.keyId, signature }));
  const run = (...paths: string[]) => {
    const program = fileURLToPath(new URL('../dist/verify.js', import.meta.url));
    const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...paths], { encoding: 'utf8' });
    return { status, text: `${stdout}${stderr}` };
  };

  it.each([
    ['content', content, signed, pem, 'the content, byte for byte'],
    ['an exported document', document, signed, pem, 'the content of the exported document'],
    ['a signature in base64', content, fileOf('signature.txt', `${signature}\n`), pem, 'byte for byte'],
    [
      'a key as the server answers it',
      content,
      signed,
      fileOf('key.json', JSON.stringify({ keyId: key.keyId, publicKeyPem: key.publicKeyPem })),
      'byte for byte',
    ],
  ])('verifies %s and says what it verified', (_, text, signatureFile, keyFile, said) => {
    const { status, text: answer } = run(fileOf('content.json', text), signatureFile, keyFile);
    expect({ status, answer }).toMatchObject({ status: 0, answer: expect.stringContaining(said) });
    expect(answer).toContain(key.keyId);
  });

  it.each([
    ['content with a digit changed', content.replace('1', '2'), signed, pem],
    ['a document with a digit changed', document.replace('1', '2'), signed, pem],
    [
      'a document in which a member stands twice, of which a reader may take either',
      document.replace('{"content":', '{"content":{"tables":{"x":{}}},"content":'),
      signed,
      pem,
    ],
    ['the right content with the key of somebody else', content, signed, fileOf('other.pem', otherKey.publicKeyPem)],
  ])('refuses %s', (_, text, signatureFile, keyFile) => {
    const { status, text: answer } = run(fileOf('content.json', text), signatureFile, keyFile);
    expect({ status, answer }).toMatchObject({ status: 1, answer: expect.stringMatching(/^NOT VERIFIED: /) });
  });

  it.each([
    ['too few files', [pem], /Usage/],
    ['a file that is not there', [join(folder, 'none'), signed, pem], /none cannot be read/],
    ['a signature that is none', [pem, fileOf('short.txt', 'YWJj'), pem], /signature is neither/],
    ['a key that is none', [pem, signed, fileOf('no.pem', 'key')], /public key is neither/],
  ])('cannot tell with %s', (_, paths, message) => {
    const { status, text } = run(...paths);
    expect({ status, text }).toMatchObject({ status: 2, text: expect.stringMatching(message) });
  });
});
