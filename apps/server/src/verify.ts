import { readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { UnusableFileError, verifyContent } from './services/verify-content.js';

const USAGE = `Usage: npm run verify -- <content.json> <signature.json> <public-key.pem>

  content.json     content of a revision as the server sent it, or an exported calibration document
  signature.json   answer of /api/v1/revisions/{id}/signature, or the signature alone in base64
  public-key.pem   public key of the server, or the answer of /api/v1/signing-key

Exit code: 0 verified, 1 not what was signed, 2 cannot be told.
`;

/** Exit codes. */
const VERIFIED = 0;
const REFUTED = 1;
const UNUSABLE = 2;

const WHAT = { content: 'the content, byte for byte', document: 'the content of the exported document' } as const;

function run(paths: readonly string[]): number {
  if (paths.length !== 3) {
    process.stderr.write(USAGE);
    return UNUSABLE;
  }
  const [content, signature, publicKey] = paths.map(read);
  const verdict = verifyContent({
    content,
    signature: signature.toString('utf8'),
    publicKey: publicKey.toString('utf8'),
  });
  if (verdict.kind === 'refuted') {
    process.stdout.write(`NOT VERIFIED: ${verdict.reason}.\n`);
    return REFUTED;
  }
  process.stdout.write(
    `Verified: ${WHAT[verdict.form]}.\n  SHA-256  ${verdict.contentHash}\n  key      ${verdict.keyId}\n`,
  );
  return VERIFIED;
}

function read(path: string): Buffer {
  try {
    // npm runs scripts in the folder of the project, wherever it was called.
    return readFileSync(resolve(process.env.INIT_CWD ?? '', path));
  } catch (cause) {
    throw new UnusableFileError(`${path} cannot be read.`, { cause });
  }
}

try {
  process.exitCode = run(process.argv.slice(2));
} catch (error) {
  if (!(error instanceof UnusableFileError)) throw error;
  process.stderr.write(`Cannot verify: ${error.message}\n`);
  process.exitCode = UNUSABLE;
}
