#!/usr/bin/env bash
# Holds the cameras of the demos against the glTF 2.0 specification with the validator of the Khronos Group
# from the npm registry, which is fetched into a folder that goes away again. Needs node, npm and a build
# of the program (STAFFAGE says where it is).
set -euo pipefail
cd "$(dirname "$0")/../.."
program=${STAFFAGE:-target/debug/staffage}
room=$(mktemp -d)
trap 'rm -rf "$room"' EXIT
for scene in demo_scenes/*.ron tests/readers/everything.ron; do
  name=$(basename "$scene" .ron)
  [ "$name" = size_book ] && continue
  "$program" camera "$scene" -o "$room/$name.glb"
  "$program" camera "$scene" -o "$room/$name.gltf"
done
if ! (cd "$room" && npm init -y >/dev/null && npm install --silent gltf-validator@2.0.0-dev.3.10); then
  echo "the glTF validator could not be fetched, and was not run"
  exit 0
fi
cat >"$room/validate.js" <<'JS'
const fs = require('fs');
const validator = require('gltf-validator');
(async () => {
  let bad = 0;
  for (const file of process.argv.slice(2)) {
    const report = await validator.validateBytes(new Uint8Array(fs.readFileSync(file)), { uri: file });
    const { numErrors, numWarnings, numInfos, numHints, messages } = report.issues;
    console.log(`${file}: ${numErrors} errors, ${numWarnings} warnings, ${numInfos} infos, ${numHints} hints`);
    for (const message of messages) console.log(`  ${message.code} at ${message.pointer}: ${message.message}`);
    bad += numErrors + numWarnings;
  }
  process.exit(bad ? 1 : 0);
})();
JS
cd "$room" && node validate.js ./*.glb ./*.gltf
