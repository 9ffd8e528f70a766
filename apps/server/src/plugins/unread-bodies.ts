import type { IncomingMessage } from 'node:http';
import type { Duplex } from 'node:stream';
import type { FastifyInstance } from 'fastify';

/** How long a sender may go on after it was answered (ms). */
const LINGER_MS = 5000;

/**
 * Lets a sender that is refused half-way read why. What it still sends is dropped for a while: a connection closed upon
 * bytes that nobody has read is reset, and the answer lost on its way (RFC 9112 section 9.6). Who goes on for longer is
 * cut off, so that nobody sends gigabytes to be told no.
 */
export function addUnreadBodies(app: FastifyInstance): void {
  /** Their senders asked for the connection to be closed. */
  const closing = new WeakSet<IncomingMessage>();
  // Fastify closes some of these connections with the answer, Node those whose senders asked for it.
  app.addHook('onSend', async ({ raw }, reply) => {
    if (raw.complete !== false) return;
    reply.removeHeader('connection');
    if (reply.raw.shouldKeepAlive) return;
    reply.raw.shouldKeepAlive = true;
    closing.add(raw);
  });
  app.addHook('onResponse', async ({ raw }) => {
    const close = () => closing.has(raw) && raw.socket.destroySoon();
    if (raw.complete !== false || raw.destroyed) return void close();
    const cut = setTimeout(() => raw.socket.destroy(), LINGER_MS);
    raw
      .once('end', close)
      .once('close', () => clearTimeout(cut))
      .unpipe()
      .resume();
  });
}

/**
 * Hands a body on to `target`, with its fault when it breaks off. Where the target is given up in the middle, the
 * connection stays as it is and still carries the answer; a body read by itself would take the connection with it.
 */
export function pipeBody<T extends Duplex>(body: IncomingMessage, target: T): T {
  // One that broke off before anybody listened says so to nobody.
  if (body.destroyed && !body.readableEnded)
    return target.destroy(body.errored ?? new Error('The body broke off.')) as T;
  return body.on('error', (error) => target.destroy(error)).pipe(target);
}
