// A command of ours that serves pages: started, and its address read.

import { spawn } from "node:child_process";

/** Starts a command in a folder; its address and its process, of which `keep` is told before it has an address. */
export async function serve(words, folder, { env = process.env, keep = (_) => {} } = {}) {
  const command = spawn(words[0], words.slice(1), { cwd: folder, env });
  keep(command);
  let said = "";
  command.stderr.on("data", (data) => (said += data));
  const address = await new Promise((resolve, reject) => {
    command.stdout.once("data", (data) => resolve(String(data).trim()));
    command.once("exit", () => reject(new Error(said)));
  });
  return { command, address };
}
