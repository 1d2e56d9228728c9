import dgram from "node:dgram";
import dns from "node:dns";
import { writeSync } from "node:fs";
import { isIP, Socket } from "node:net";

// Loaded before the server by `node --import`: whatever would leave the machine, or asks for a name, is refused and said
// on standard error, where the browser tests look for it.
const HERE = /^(127\.|::1$|::ffff:127\.|localhost$)/;

const connect = Socket.prototype.connect;
Socket.prototype.connect = function (...args) {
  // Node hands its own calls on as one array of arguments.
  const [first, second] = Array.isArray(args[0]) ? args[0] : args;
  const host = typeof first === "object" ? first.host : typeof second === "string" ? second : undefined;
  if (host !== undefined && !HERE.test(host)) refuse(`connection to ${host}`);
  return connect.apply(this, args);
};

const lookup = dns.lookup;
dns.lookup = function (host, ...rest) {
  if (!HERE.test(host) && isIP(host) === 0) refuse(`look-up of ${host}`);
  return lookup.call(this, host, ...rest);
};

dgram.createSocket = () => refuse("a datagram socket");

function refuse(what) {
  writeSync(2, `LEAVES THE MACHINE: ${what}\n`);
  throw new Error(`${what}: nothing may leave the machine`);
}
