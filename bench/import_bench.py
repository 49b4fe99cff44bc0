"""Times the import of a made-up FoodData Central folder: 8,000 foods with 60 nutrients each, two portions a food."""

from __future__ import annotations

import random
import sys
import tempfile
import time
from pathlib import Path

from gramwright.publishing.importing import import_table

NUTRIENTS = (
    "208 203 204 205 255 207 291 269 209 606 645 646 605 601 307 306 301 304 305 303 309 312 315 317 401 404 405 406 "
    "410 415 417 431 435 418 320 319 323 328 430 421 262 221"
).split()


def make_folder(folder: Path, foods: int, nutrients: int = 60) -> None:
    """Writes food.csv, nutrient.csv, food_nutrient.csv, food_portion.csv and the small files."""
    rng = random.Random(4)
    numbers = [*NUTRIENTS, *(str(700 + n) for n in range(nutrients - len(NUTRIENTS)))]
    units = {"208": "KCAL"}
    milligrams = {*"601 307 306 301 304 305 303 309 312 315 401 404 405 406 410 415 323 421 262".split()}
    micrograms = {*"317 417 431 435 418 320 319 328 430".split()}
    with (folder / "nutrient.csv").open("w") as out:
        out.write('"id","name","unit_name","nutrient_nbr","rank"\n')
        for at, number in enumerate(numbers):
            unit = units.get(number, "MG" if number in milligrams else "UG" if number in micrograms else "G")
            out.write(f'"{1000 + at}","Nutrient {number}","{unit}","{number}","{at}"\n')
    with (folder / "food.csv").open("w") as out:
        out.write('"fdc_id","data_type","description","food_category_id","publication_date"\n')
        for at in range(foods):
            out.write(f'"{100000 + at}","sr_legacy_food","Food {at}, kind {at % 40}, raw","{at % 5}","2019-04-01"\n')
    with (folder / "food_category.csv").open("w") as out:
        out.write('"id","code","description"\n')
        out.writelines(f'"{at}","0{at}00","Category {at}"\n' for at in range(5))
    with (folder / "food_nutrient.csv").open("w") as out:
        out.write(
            '"id","fdc_id","nutrient_id","amount","data_points","derivation_id","min","max","median","footnote"\n'
        )
        serial = 0
        for at in range(foods):
            for place in range(nutrients):
                serial += 1
                amount = f"{rng.random() * 30:.3f}"
                out.write(f'"{serial}","{100000 + at}","{1000 + place}","{amount}","0","{place % 3}","","","",""\n')
    with (folder / "food_nutrient_derivation.csv").open("w") as out:
        out.write(
            '"id","code","description"\n"0","A","Analytical"\n"1","BFZN","Based on another"\n"2","NC","Calculated"\n'
        )
    with (folder / "food_portion.csv").open("w") as out:
        out.write('"id","fdc_id","seq_num","amount","measure_unit_id","portion_description","modifier","gram_weight"\n')
        for at in range(foods):
            out.write(f'"{2 * at}","{100000 + at}","1","1","9999","","cup, chopped","{80 + at % 90}"\n')
            out.write(f'"{2 * at + 1}","{100000 + at}","2","1","9999","","oz","28.35"\n')


def main() -> None:
    foods = int(sys.argv[1]) if len(sys.argv) > 1 else 8000
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        make_folder(folder, foods)
        begun = time.process_time()
        result = import_table("usda-fdc", folder, folder / "fdc.csv", measures=folder / "measures.csv")
        first = time.process_time() - begun
        begun = time.process_time()
        import_table("usda-fdc", folder, folder / "fdc.csv", measures=folder / "measures.csv")
        again = time.process_time() - begun
        size = (folder / "fdc.csv").stat().st_size
    taken = result.foods.added if result.foods else 0
    print(
        f"{taken:,} foods x 60 nutrients: first {first:.2f} CPU s, again {again:.2f} CPU s; table {size / 1e6:.1f} MB"
    )


if __name__ == "__main__":
    main()
