/**
 * Poses over one WebSocket, for dragging: the questions are those of `/api/pose`, each
 * carries its design, and they are answered in their order.
 */
import { Refusal } from './client';
import type { PoseAnswer, PoseReply } from './types';

interface Waiting {
  done(answer: PoseAnswer): void;
  failed(error: Refusal): void;
}

let socket: WebSocket | null = null;
let opening: Promise<WebSocket> | null = null;
const waiting: Waiting[] = [];

const gone = () => new Refusal(0, 'the program does not answer', 'start `calotte page` again');

function open(): Promise<WebSocket> {
  if (socket?.readyState === WebSocket.OPEN) return Promise.resolve(socket);
  opening ??= new Promise((done, failed) => {
    const made = new WebSocket(`ws://${location.host}/api/poses`);
    made.onopen = () => {
      socket = made;
      opening = null;
      done(made);
    };
    made.onmessage = (event) => heard(JSON.parse(event.data));
    made.onclose = () => {
      if (socket === made) socket = null;
      opening = null;
      failed(gone());
      for (const one of waiting.splice(0)) one.failed(gone());
    };
  });
  return opening;
}

function heard(reply: PoseReply): void {
  const one = waiting.shift();
  if (!one) return;
  if ('pose' in reply) one.done(reply.pose);
  else one.failed(new Refusal(reply.status, reply.refused.error, reply.refused.hint ?? ''));
}

/** Asks for a pose; `question` is the body of `/api/pose`. */
export async function pose(question: unknown): Promise<PoseAnswer> {
  const to = await open();
  return new Promise((done, failed) => {
    waiting.push({ done, failed });
    to.send(JSON.stringify(question));
  });
}
