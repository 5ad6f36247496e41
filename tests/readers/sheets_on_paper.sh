#!/usr/bin/env bash
# Prints the sheets of the demos on A4 and on Letter into a folder, as PDF and page by page as PNG, to be looked
# at. Needs chromium, pdftoppm and a build of the program (STAFFAGE says where it is).
set -euo pipefail
cd "$(dirname "$0")/../.."
program=${STAFFAGE:-target/debug/staffage}
folder=$(realpath -m "${1:?the folder to print into}")
mkdir -p "$folder"
print() {
  chromium --headless --no-sandbox --disable-gpu --no-pdf-header-footer \
    --print-to-pdf="$folder/$1.pdf" "file://$folder/$1.html" 2>/dev/null
  pdftoppm -r 80 -png "$folder/$1.pdf" "$folder/$1"
  pdfinfo "$folder/$1.pdf" | grep -E "^(Pages|Page size)"
}
for name in dam_overlook market_street reservoir_from_above; do
  "$program" sheet "demo_scenes/$name.ron" -o "$folder/$name.letter.html"
  # The page takes the printer's paper; the browser without a window knows only Letter.
  sed 's/size: landscape/size: A4 landscape/' "$folder/$name.letter.html" >"$folder/$name.a4.html"
  print "$name.letter"
  print "$name.a4"
done
