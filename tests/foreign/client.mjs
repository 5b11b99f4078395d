// A client in another language that knows nothing of this project but its address: it learns the
// contract by reflection and calls every rpc of it, the streams too.

import { createRequire } from "node:module";

// The packages are beside the folder that this is run in, not beside this file.
const require = createRequire(`${process.cwd()}/`);
const grpc = require("@grpc/grpc-js");
const loader = require("@grpc/proto-loader");
const { FileDescriptorProto } = require("protobufjs/ext/descriptor");

const address = process.argv[2];
const credentials = grpc.credentials.createInsecure();
// Refusals of an empty request that a contract allows for; anything else is a fault.
const REFUSED = [
  grpc.status.OK, grpc.status.INVALID_ARGUMENT, grpc.status.NOT_FOUND, grpc.status.FAILED_PRECONDITION,
];

function reflection() {
  const folder = "node_modules/@grpc/reflection/build/proto";
  const loaded = loader.loadSync("grpc/reflection/v1/reflection.proto", { includeDirs: [folder] });
  const { ServerReflection } = grpc.loadPackageDefinition(loaded).grpc.reflection.v1;
  return new ServerReflection(address, credentials);
}

function ask(client, request) {
  return new Promise((resolve, reject) => {
    const call = client.ServerReflectionInfo();
    call.on("data", (reply) => { resolve(reply); call.end(); });
    call.on("error", reject);
    call.write(request);
  });
}

// A FileDescriptorSet has one field, 1: the files, each with its length before it.
function descriptorSet(files) {
  const pieces = [];
  for (const file of files) {
    const head = [0x0a];
    let length = file.length;
    for (; length > 0x7f; length >>>= 7) head.push((length & 0x7f) | 0x80);
    pieces.push(Buffer.from([...head, length]), file);
  }
  return Buffer.concat(pieces);
}

async function contract() {
  const client = reflection();
  const listed = await ask(client, { listServices: "" });
  const names = listed.listServicesResponse.service.map((service) => service.name);
  const wanted = names.filter((name) => name.startsWith("sward.v1."))
    .map((name) => ({ fileContainingSymbol: name }));
  const files = new Map();
  for (let request = wanted.pop(); request; request = wanted.pop()) {
    const reply = await ask(client, request);
    for (const file of reply.fileDescriptorResponse.fileDescriptorProto) {
      const { name, dependency } = FileDescriptorProto.decode(file);
      files.set(name, file);
      const unknown = dependency.filter((other) => !files.has(other));
      wanted.push(...unknown.map((other) => ({ fileByFilename: other })));
    }
  }
  client.close();
  return loader.loadFileDescriptorSetFromBuffer(descriptorSet([...files.values()]));
}

function callOnce(client, name, method) {
  return new Promise((resolve) => {
    const deadline = { deadline: Date.now() + 20000 };
    const ended = (error, replies) => resolve({ code: error ? error.code : 0, error, replies });
    if (!method.requestStream && !method.responseStream) {
      client[name]({}, deadline, ended);
    } else if (!method.responseStream) {
      client[name](deadline, ended).end();
    } else {
      const call = method.requestStream ? client[name](deadline) : client[name]({}, deadline);
      let replies = 0;
      call.on("data", () => { replies += 1; });
      call.on("error", (error) => ended(error, replies));
      call.on("end", () => ended(null, replies));
      if (method.requestStream) call.end();
    }
  });
}

let called = 0;
const services = Object.entries(await contract()).filter(([, service]) => !("type" in service));
for (const [name, definition] of services.filter(([name]) => name.startsWith("sward.v1."))) {
  const Client = grpc.makeGenericClientConstructor(definition, name);
  const client = new Client(address, credentials);
  for (const [method, shape] of Object.entries(definition)) {
    const { code, error } = await callOnce(client, method, shape);
    if (!REFUSED.includes(code)) throw new Error(`${name}/${method}: ${error}`);
    if (code !== 0 && !error.metadata.get("grpc-status-details-bin").length) {
      throw new Error(`${name}/${method} is refused without details: ${error}`);
    }
    called += 1;
  }
  client.close();
}
if (called < 50) throw new Error(`only ${called} rpcs were found`);
console.log(`${called} calls by grpc-js through reflection: ok`);
